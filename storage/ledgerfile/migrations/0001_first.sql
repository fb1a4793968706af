CREATE TABLE room (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  name TEXT NOT NULL CHECK (trim(name) <> ''),
  zone TEXT NOT NULL,
  note TEXT NOT NULL DEFAULT '',
  demo INTEGER NOT NULL DEFAULT 0 CHECK (demo IN (0, 1))
) STRICT;

CREATE TABLE profiles (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL CHECK (trim(name) <> ''),
  kind INTEGER NOT NULL CHECK (kind BETWEEN 1 AND 4),
  source TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE systems (
  id INTEGER PRIMARY KEY,
  code TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (trim(code) <> ''),
  name TEXT NOT NULL CHECK (trim(name) <> ''),
  kind INTEGER NOT NULL CHECK (kind BETWEEN 1 AND 4),
  place TEXT NOT NULL DEFAULT '',
  profile_id INTEGER REFERENCES profiles(id),
  walk INTEGER NOT NULL DEFAULT 0,
  stated REAL NOT NULL DEFAULT 0 CHECK (stated >= 0 AND stated < 1e300),
  stated_uncertainty REAL NOT NULL DEFAULT 0 CHECK (stated_uncertainty >= 0 AND stated_uncertainty < 1e300),
  invertebrates INTEGER NOT NULL DEFAULT 0 CHECK (invertebrates IN (0, 1)),
  opened_at INTEGER NOT NULL DEFAULT 0,
  closed_at INTEGER NOT NULL DEFAULT 0,
  note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX systems_profile ON systems(profile_id);

CREATE TABLE tanks (
  id INTEGER PRIMARY KEY,
  system_id INTEGER NOT NULL REFERENCES systems(id) ON DELETE CASCADE,
  name TEXT NOT NULL DEFAULT '',
  length REAL NOT NULL CHECK (length > 0 AND length < 1e300),
  width REAL NOT NULL CHECK (width > 0 AND width < 1e300),
  height REAL NOT NULL CHECK (height > 0 AND height < 1e300),
  displaced REAL NOT NULL DEFAULT 0 CHECK (displaced >= 0 AND displaced < length * width * height / 1000)
) STRICT;
CREATE INDEX tanks_system ON tanks(system_id);

CREATE TABLE analytes (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE
) STRICT;

CREATE TABLE bands (
  id INTEGER PRIMARY KEY,
  profile_id INTEGER REFERENCES profiles(id) ON DELETE CASCADE,
  system_id INTEGER REFERENCES systems(id) ON DELETE CASCADE,
  analyte_id INTEGER NOT NULL REFERENCES analytes(id),
  place INTEGER NOT NULL,
  low REAL NOT NULL CHECK (abs(low) < 1e300),
  aim REAL NOT NULL CHECK (abs(aim) < 1e300),
  high REAL NOT NULL CHECK (abs(high) < 1e300),
  max_rise REAL NOT NULL DEFAULT 0 CHECK (max_rise >= 0 AND max_rise < 1e300),
  test_every INTEGER NOT NULL DEFAULT 0 CHECK (test_every >= 0),
  at_salinity REAL NOT NULL DEFAULT 0 CHECK (at_salinity >= 0 AND at_salinity < 1e300),
  CHECK (low <= aim AND aim <= high),
  CHECK ((profile_id IS NULL) <> (system_id IS NULL)),
  UNIQUE (profile_id, analyte_id),
  UNIQUE (system_id, analyte_id)
) STRICT;

CREATE TABLE methods (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL CHECK (trim(name) <> ''),
  kind INTEGER NOT NULL CHECK (kind BETWEEN 1 AND 5),
  analyte_id INTEGER NOT NULL REFERENCES analytes(id),
  unit TEXT NOT NULL,
  resolution REAL NOT NULL DEFAULT 0 CHECK (resolution >= 0 AND resolution < 1e300),
  accuracy REAL NOT NULL DEFAULT 0 CHECK (accuracy >= 0 AND accuracy < 1e300),
  accuracy_share REAL NOT NULL DEFAULT 0 CHECK (accuracy_share >= 0 AND accuracy_share < 1e300),
  repeatability REAL NOT NULL DEFAULT 0 CHECK (repeatability >= 0 AND repeatability < 1e300),
  detection REAL NOT NULL DEFAULT 0 CHECK (detection >= 0 AND detection < 1e300),
  top REAL NOT NULL DEFAULT 0 CHECK (top >= 0 AND top < 1e300),
  note TEXT NOT NULL DEFAULT '',
  retired INTEGER NOT NULL DEFAULT 0 CHECK (retired IN (0, 1))
) STRICT;

CREATE TABLE samples (
  id INTEGER PRIMARY KEY,
  system_id INTEGER NOT NULL REFERENCES systems(id),
  code TEXT NOT NULL CHECK (trim(code) <> ''),
  lab TEXT NOT NULL DEFAULT '',
  drawn_at INTEGER NOT NULL,
  sent_at INTEGER NOT NULL DEFAULT 0,
  expected_at INTEGER NOT NULL DEFAULT 0,
  received_at INTEGER NOT NULL DEFAULT 0,
  note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX samples_system ON samples(system_id);

CREATE TABLE readings (
  id INTEGER PRIMARY KEY,
  system_id INTEGER NOT NULL REFERENCES systems(id),
  analyte_id INTEGER NOT NULL REFERENCES analytes(id),
  taken_at INTEGER NOT NULL,
  value REAL NOT NULL CHECK (abs(value) < 1e300),
  bound INTEGER NOT NULL DEFAULT 0 CHECK (bound BETWEEN 0 AND 2),
  status INTEGER NOT NULL DEFAULT 0 CHECK (status IN (0, 1)),
  typed TEXT NOT NULL DEFAULT '',
  unit TEXT NOT NULL DEFAULT '',
  method_id INTEGER REFERENCES methods(id),
  sample_id INTEGER REFERENCES samples(id),
  person TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  entered_at INTEGER NOT NULL
) STRICT;
CREATE INDEX readings_plot ON readings(system_id, analyte_id, taken_at, value, status);
CREATE INDEX readings_sample ON readings(sample_id) WHERE sample_id IS NOT NULL;

CREATE TABLE latest (
  system_id INTEGER NOT NULL,
  analyte_id INTEGER NOT NULL,
  reading_id INTEGER NOT NULL REFERENCES readings(id),
  PRIMARY KEY (system_id, analyte_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE products (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL CHECK (trim(name) <> ''),
  form INTEGER NOT NULL CHECK (form IN (1, 2)),
  stock REAL NOT NULL DEFAULT 0 CHECK (stock >= 0 AND stock < 1e300),
  full_amount REAL NOT NULL DEFAULT 0 CHECK (full_amount >= 0 AND full_amount < 1e300),
  price REAL NOT NULL DEFAULT 0 CHECK (price >= 0 AND price < 1e300),
  caution TEXT NOT NULL DEFAULT '',
  retired INTEGER NOT NULL DEFAULT 0 CHECK (retired IN (0, 1))
) STRICT;

CREATE TABLE ingredients (
  id INTEGER PRIMARY KEY,
  product_id INTEGER NOT NULL REFERENCES products(id) ON DELETE CASCADE,
  compound TEXT NOT NULL,
  amount REAL NOT NULL CHECK (amount > 0 AND amount < 1e300)
) STRICT;
CREATE INDEX ingredients_product ON ingredients(product_id);

CREATE TABLE strengths (
  id INTEGER PRIMARY KEY,
  product_id INTEGER NOT NULL REFERENCES products(id) ON DELETE CASCADE,
  analyte_id INTEGER NOT NULL REFERENCES analytes(id),
  amount REAL NOT NULL CHECK (amount > 0 AND amount < 1e300),
  litres REAL NOT NULL CHECK (litres > 0 AND litres < 1e300),
  raises REAL NOT NULL CHECK (abs(raises) < 1e300)
) STRICT;
CREATE INDEX strengths_product ON strengths(product_id);

CREATE TABLE plans (
  id INTEGER PRIMARY KEY,
  made_at INTEGER NOT NULL,
  caution REAL NOT NULL CHECK (caution > 0 AND caution <= 1),
  person TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE plan_lines (
  id INTEGER PRIMARY KEY,
  plan_id INTEGER NOT NULL REFERENCES plans(id) ON DELETE CASCADE,
  system_id INTEGER NOT NULL REFERENCES systems(id),
  analyte_id INTEGER NOT NULL REFERENCES analytes(id),
  product_id INTEGER NOT NULL REFERENCES products(id),
  now_value REAL NOT NULL CHECK (abs(now_value) < 1e300),
  aim REAL NOT NULL CHECK (abs(aim) < 1e300),
  after_value REAL NOT NULL CHECK (abs(after_value) < 1e300),
  computed REAL NOT NULL CHECK (computed >= 0 AND computed < 1e300),
  how TEXT NOT NULL DEFAULT '',
  retest_at INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX plan_lines_plan ON plan_lines(plan_id);

CREATE TABLE doses (
  id INTEGER PRIMARY KEY,
  line_id INTEGER NOT NULL REFERENCES plan_lines(id) ON DELETE CASCADE,
  due_at INTEGER NOT NULL,
  amount REAL NOT NULL CHECK (amount > 0 AND amount < 1e300),
  done_at INTEGER NOT NULL DEFAULT 0,
  given REAL NOT NULL DEFAULT 0 CHECK (given >= 0 AND given < 1e300),
  dropped INTEGER NOT NULL DEFAULT 0 CHECK (dropped IN (0, 1)),
  reason TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX doses_line ON doses(line_id);
CREATE INDEX doses_waiting ON doses(due_at) WHERE done_at = 0 AND dropped = 0;

CREATE TABLE additions (
  id INTEGER PRIMARY KEY,
  system_id INTEGER NOT NULL REFERENCES systems(id),
  product_id INTEGER NOT NULL REFERENCES products(id),
  given_at INTEGER NOT NULL,
  amount REAL NOT NULL CHECK (amount > 0 AND amount < 1e300),
  dose_id INTEGER REFERENCES doses(id),
  person TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  status INTEGER NOT NULL DEFAULT 0 CHECK (status IN (0, 1))
) STRICT;
CREATE INDEX additions_system ON additions(system_id, given_at);

CREATE TABLE addition_changes (
  addition_id INTEGER NOT NULL REFERENCES additions(id) ON DELETE CASCADE,
  analyte_id INTEGER NOT NULL REFERENCES analytes(id),
  change REAL NOT NULL CHECK (abs(change) < 1e300),
  PRIMARY KEY (addition_id, analyte_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE water_changes (
  id INTEGER PRIMARY KEY,
  system_id INTEGER NOT NULL REFERENCES systems(id),
  done_at INTEGER NOT NULL,
  litres REAL NOT NULL CHECK (litres > 0 AND litres < 1e300),
  share REAL NOT NULL CHECK (share > 0 AND share <= 1),
  from_id INTEGER REFERENCES systems(id),
  person TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  status INTEGER NOT NULL DEFAULT 0 CHECK (status IN (0, 1))
) STRICT;
CREATE INDEX water_changes_system ON water_changes(system_id, done_at);

CREATE TABLE water_levels (
  change_id INTEGER NOT NULL REFERENCES water_changes(id) ON DELETE CASCADE,
  analyte_id INTEGER NOT NULL REFERENCES analytes(id),
  value REAL NOT NULL CHECK (abs(value) < 1e300),
  PRIMARY KEY (change_id, analyte_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE observations (
  id INTEGER PRIMARY KEY,
  system_id INTEGER NOT NULL REFERENCES systems(id),
  seen_at INTEGER NOT NULL,
  text TEXT NOT NULL CHECK (text <> ''),
  person TEXT NOT NULL DEFAULT '',
  status INTEGER NOT NULL DEFAULT 0 CHECK (status IN (0, 1))
) STRICT;
CREATE INDEX observations_system ON observations(system_id, seen_at);

CREATE TABLE tasks (
  id INTEGER PRIMARY KEY,
  system_id INTEGER REFERENCES systems(id),
  profile_id INTEGER REFERENCES profiles(id),
  title TEXT NOT NULL CHECK (trim(title) <> ''),
  rule TEXT NOT NULL DEFAULT '',
  every INTEGER NOT NULL DEFAULT 0 CHECK (every >= 0),
  start_at INTEGER NOT NULL,
  note TEXT NOT NULL DEFAULT '',
  ended INTEGER NOT NULL DEFAULT 0 CHECK (ended IN (0, 1)),
  CHECK (system_id IS NULL OR profile_id IS NULL),
  CHECK (rule = '' OR every = 0)
) STRICT;

CREATE TABLE completions (
  id INTEGER PRIMARY KEY,
  task_id INTEGER REFERENCES tasks(id),
  system_id INTEGER REFERENCES systems(id),
  analyte_id INTEGER REFERENCES analytes(id),
  done_at INTEGER NOT NULL,
  outcome INTEGER NOT NULL CHECK (outcome BETWEEN 0 AND 2),
  moved_to INTEGER NOT NULL DEFAULT 0,
  reason TEXT NOT NULL DEFAULT '',
  person TEXT NOT NULL DEFAULT '',
  CHECK ((task_id IS NULL) <> (analyte_id IS NULL))
) STRICT;
CREATE INDEX completions_work ON completions(task_id, system_id, analyte_id, done_at);

CREATE TABLE amendments (
  id INTEGER PRIMARY KEY,
  entity TEXT NOT NULL,
  entity_id INTEGER NOT NULL,
  system_id INTEGER REFERENCES systems(id),
  made_at INTEGER NOT NULL,
  person TEXT NOT NULL DEFAULT '',
  reason TEXT NOT NULL CHECK (trim(reason) <> ''),
  before TEXT NOT NULL
) STRICT;
CREATE INDEX amendments_system ON amendments(system_id, made_at);

CREATE TABLE drafts (
  name TEXT PRIMARY KEY,
  data BLOB NOT NULL,
  kept_at INTEGER NOT NULL
) STRICT;
