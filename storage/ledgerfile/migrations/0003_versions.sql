ALTER TABLE actions ADD COLUMN person TEXT NOT NULL DEFAULT '';
ALTER TABLE actions ADD COLUMN workstation TEXT NOT NULL DEFAULT '';
-- The action that this one takes back or puts back in the end; undoes is the one just before it.
ALTER TABLE actions ADD COLUMN root INTEGER REFERENCES actions(id);
-- 1: the action states what the ledger held; actions before it cannot be taken back.
ALTER TABLE actions ADD COLUMN baseline INTEGER NOT NULL DEFAULT 0 CHECK (baseline IN (0, 1));
-- A sum of the action, its versions and the hash before; NULL: written before there were versions.
ALTER TABLE actions ADD COLUMN hash INTEGER;
CREATE INDEX actions_author ON actions(workstation, person) WHERE root IS NULL;
CREATE INDEX actions_root ON actions(root) WHERE root IS NOT NULL;
CREATE INDEX actions_baseline ON actions(id) WHERE baseline = 1;

CREATE TABLE versions (
  action_id INTEGER NOT NULL REFERENCES actions(id),
  place INTEGER NOT NULL,
  entity TEXT NOT NULL,
  first INTEGER NOT NULL,
  last INTEGER NOT NULL CHECK (last >= first),
  -- 1 came, 2 changed, 3 went, 4 imported, 5 withdrawn, 6 counted again, 7 found
  change INTEGER NOT NULL CHECK (change BETWEEN 1 AND 7),
  before TEXT CHECK ((before IS NOT NULL) = (change IN (2, 3))),
  hash_before INTEGER NOT NULL,
  hash_after INTEGER NOT NULL,
  PRIMARY KEY (action_id, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE kept_drafts (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL UNIQUE,
  data BLOB NOT NULL,
  kept_at INTEGER NOT NULL
) STRICT;
INSERT INTO kept_drafts (name, data, kept_at) SELECT name, data, kept_at FROM drafts ORDER BY name;
DROP TABLE drafts;
ALTER TABLE kept_drafts RENAME TO drafts;
