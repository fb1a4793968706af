-- Of rows of following numbers that one version stands for: the sum of the rows of each number, eight bytes
-- each, from the number first on. Together they are the version's hash_after.
CREATE TABLE row_sums (
  action_id INTEGER NOT NULL REFERENCES actions(id),
  place INTEGER NOT NULL,
  first INTEGER NOT NULL,
  sums BLOB NOT NULL CHECK (length(sums) BETWEEN 8 AND 800 AND length(sums) % 8 = 0),
  PRIMARY KEY (action_id, place, first)
) STRICT, WITHOUT ROWID;

-- A sum of the row, since drafts are in no account; zero: kept before there were sums.
ALTER TABLE drafts ADD COLUMN sum INTEGER NOT NULL DEFAULT 0;
