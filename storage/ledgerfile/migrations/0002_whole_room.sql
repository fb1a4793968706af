CREATE TABLE actions (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  done_at INTEGER NOT NULL,
  doing TEXT NOT NULL CHECK (trim(doing) <> ''),
  undoes INTEGER REFERENCES actions(id)
) STRICT;

CREATE TABLE people (
  id INTEGER PRIMARY KEY,
  initials TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (trim(initials) <> ''),
  name TEXT NOT NULL DEFAULT '',
  gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1))
) STRICT;

ALTER TABLE readings ADD COLUMN uncertainty REAL NOT NULL DEFAULT 0 CHECK (uncertainty >= 0 AND uncertainty < 1e300);

CREATE TABLE corrections (
  id INTEGER PRIMARY KEY,
  method_id INTEGER NOT NULL REFERENCES methods(id),
  from_at INTEGER NOT NULL,
  until_at INTEGER NOT NULL DEFAULT 0 CHECK (until_at = 0 OR until_at > from_at),
  factor REAL NOT NULL DEFAULT 1 CHECK (factor > 0 AND factor < 1e300),
  shift REAL NOT NULL DEFAULT 0 CHECK (abs(shift) < 1e300),
  reason TEXT NOT NULL CHECK (trim(reason) <> ''),
  person TEXT NOT NULL DEFAULT '',
  status INTEGER NOT NULL DEFAULT 0 CHECK (status IN (0, 1))
) STRICT;
CREATE INDEX corrections_method ON corrections(method_id, from_at);

CREATE TABLE standard_checks (
  id INTEGER PRIMARY KEY,
  method_id INTEGER NOT NULL REFERENCES methods(id),
  checked_at INTEGER NOT NULL,
  standard TEXT NOT NULL CHECK (trim(standard) <> ''),
  expected REAL NOT NULL CHECK (abs(expected) < 1e300),
  expected_uncertainty REAL NOT NULL DEFAULT 0 CHECK (expected_uncertainty >= 0 AND expected_uncertainty < 1e300),
  found REAL NOT NULL CHECK (abs(found) < 1e300),
  person TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  status INTEGER NOT NULL DEFAULT 0 CHECK (status IN (0, 1))
) STRICT;
CREATE INDEX standard_checks_method ON standard_checks(method_id, checked_at);

CREATE TABLE stock_movements (
  id INTEGER PRIMARY KEY,
  product_id INTEGER NOT NULL REFERENCES products(id),
  moved_at INTEGER NOT NULL,
  kind INTEGER NOT NULL CHECK (kind BETWEEN 1 AND 5),
  change REAL NOT NULL CHECK (abs(change) < 1e300),
  left_over REAL NOT NULL CHECK (left_over >= 0 AND left_over < 1e300),
  addition_id INTEGER REFERENCES additions(id),
  price REAL NOT NULL DEFAULT 0 CHECK (price >= 0 AND price < 1e300),
  person TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX stock_movements_product ON stock_movements(product_id, moved_at);
CREATE INDEX stock_movements_addition ON stock_movements(addition_id) WHERE addition_id IS NOT NULL;

CREATE TABLE pumps (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL CHECK (trim(name) <> ''),
  place TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  retired INTEGER NOT NULL DEFAULT 0 CHECK (retired IN (0, 1))
) STRICT;

CREATE TABLE heads (
  id INTEGER PRIMARY KEY,
  pump_id INTEGER NOT NULL REFERENCES pumps(id) ON DELETE CASCADE,
  number INTEGER NOT NULL CHECK (number > 0),
  name TEXT NOT NULL DEFAULT '',
  smallest REAL NOT NULL DEFAULT 0 CHECK (smallest >= 0 AND smallest < 1e300),
  step REAL NOT NULL DEFAULT 0 CHECK (step >= 0 AND step < 1e300),
  UNIQUE (pump_id, number)
) STRICT;

CREATE TABLE calibrations (
  id INTEGER PRIMARY KEY,
  head_id INTEGER NOT NULL REFERENCES heads(id),
  made_at INTEGER NOT NULL,
  person TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  status INTEGER NOT NULL DEFAULT 0 CHECK (status IN (0, 1))
) STRICT;
CREATE INDEX calibrations_head ON calibrations(head_id, made_at);

CREATE TABLE calibration_runs (
  id INTEGER PRIMARY KEY,
  calibration_id INTEGER NOT NULL REFERENCES calibrations(id) ON DELETE CASCADE,
  seconds REAL NOT NULL CHECK (seconds > 0 AND seconds < 1e300),
  millilitres REAL NOT NULL CHECK (millilitres >= 0 AND millilitres < 1e300),
  graduation REAL NOT NULL CHECK (graduation > 0 AND graduation < 1e300)
) STRICT;
CREATE INDEX calibration_runs_calibration ON calibration_runs(calibration_id);

CREATE TABLE containers (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL CHECK (trim(name) <> ''),
  product_id INTEGER NOT NULL REFERENCES products(id),
  capacity REAL NOT NULL CHECK (capacity > 0 AND capacity < 1e300),
  contents REAL NOT NULL DEFAULT 0 CHECK (contents >= 0 AND contents <= capacity),
  as_of INTEGER NOT NULL,
  note TEXT NOT NULL DEFAULT '',
  retired INTEGER NOT NULL DEFAULT 0 CHECK (retired IN (0, 1))
) STRICT;
CREATE INDEX containers_product ON containers(product_id);

CREATE TABLE programs (
  id INTEGER PRIMARY KEY,
  head_id INTEGER NOT NULL REFERENCES heads(id),
  system_id INTEGER NOT NULL REFERENCES systems(id),
  container_id INTEGER NOT NULL REFERENCES containers(id),
  from_at INTEGER NOT NULL,
  until_at INTEGER NOT NULL DEFAULT 0 CHECK (until_at = 0 OR until_at > from_at),
  daily REAL NOT NULL CHECK (daily > 0 AND daily < 1e300),
  doses INTEGER NOT NULL CHECK (doses BETWEEN 1 AND 1440),
  window_start INTEGER NOT NULL DEFAULT 0 CHECK (window_start BETWEEN 0 AND 1439),
  window_end INTEGER NOT NULL DEFAULT 1440 CHECK (window_end BETWEEN 1 AND 1440),
  person TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX programs_head ON programs(head_id, from_at);
CREATE INDEX programs_system ON programs(system_id, from_at);
CREATE INDEX programs_container ON programs(container_id);

CREATE TABLE lots (
  id INTEGER PRIMARY KEY,
  system_id INTEGER NOT NULL REFERENCES systems(id),
  parent_id INTEGER REFERENCES lots(id),
  species TEXT NOT NULL CHECK (trim(species) <> ''),
  name TEXT NOT NULL DEFAULT '',
  place TEXT NOT NULL DEFAULT '',
  watch TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  CHECK (parent_id <> id)
) STRICT;
CREATE INDEX lots_system ON lots(system_id);
CREATE INDEX lots_parent ON lots(parent_id) WHERE parent_id IS NOT NULL;

CREATE TABLE lot_events (
  id INTEGER PRIMARY KEY,
  lot_id INTEGER NOT NULL REFERENCES lots(id),
  system_id INTEGER NOT NULL REFERENCES systems(id),
  happened_at INTEGER NOT NULL,
  kind INTEGER NOT NULL CHECK (kind BETWEEN 1 AND 7),
  count INTEGER NOT NULL CHECK (count >= 0),
  into_id INTEGER REFERENCES lots(id),
  to_system_id INTEGER REFERENCES systems(id),
  price REAL NOT NULL DEFAULT 0 CHECK (price >= 0 AND price < 1e300),
  person TEXT NOT NULL DEFAULT '',
  note TEXT NOT NULL DEFAULT '',
  status INTEGER NOT NULL DEFAULT 0 CHECK (status IN (0, 1))
) STRICT;
CREATE INDEX lot_events_lot ON lot_events(lot_id, happened_at);
CREATE INDEX lot_events_system ON lot_events(system_id, happened_at);
CREATE INDEX lot_events_into ON lot_events(into_id) WHERE into_id IS NOT NULL;

CREATE TABLE photos (
  id INTEGER PRIMARY KEY,
  system_id INTEGER NOT NULL REFERENCES systems(id),
  observation_id INTEGER REFERENCES observations(id),
  lot_id INTEGER REFERENCES lots(id),
  taken_at INTEGER NOT NULL,
  file TEXT NOT NULL CHECK (file <> '' AND file NOT GLOB '*[/\:]*' AND file NOT GLOB '.*' AND instr(file, char(0)) = 0),
  sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
  size INTEGER NOT NULL CHECK (size > 0),
  caption TEXT NOT NULL DEFAULT '',
  person TEXT NOT NULL DEFAULT '',
  status INTEGER NOT NULL DEFAULT 0 CHECK (status IN (0, 1))
) STRICT;
CREATE INDEX photos_system ON photos(system_id, taken_at);
CREATE INDEX photos_observation ON photos(observation_id) WHERE observation_id IS NOT NULL;
CREATE INDEX photos_lot ON photos(lot_id) WHERE lot_id IS NOT NULL;

CREATE TABLE column_maps (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (trim(name) <> ''),
  map TEXT NOT NULL CHECK (json_valid(map))
) STRICT;
