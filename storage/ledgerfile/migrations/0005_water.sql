-- Metres above the sea; NULL: nobody said it, which counts as at the sea.
ALTER TABLE room ADD COLUMN height REAL CHECK (height BETWEEN 0 AND 4500);
-- The set of constants of the carbon dioxide system, by its number in chem/seawater.
ALTER TABLE room ADD COLUMN constants INTEGER NOT NULL DEFAULT 0 CHECK (constants BETWEEN 0 AND 4);

-- 1: water of reverse osmosis, resin or a still; what was not measured of it counts as nothing.
ALTER TABLE systems ADD COLUMN purified INTEGER NOT NULL DEFAULT 0 CHECK (purified IN (0, 1));

-- The largest change of a single dose or water change; zero: none is known.
ALTER TABLE bands ADD COLUMN max_step REAL NOT NULL DEFAULT 0 CHECK (max_step >= 0 AND max_step < 1e300);

CREATE TABLE water_recipes (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (trim(name) <> ''),
  system_id INTEGER REFERENCES systems(id),
  litres REAL NOT NULL CHECK (litres > 0 AND litres < 1e300),
  calcium_to_magnesium REAL NOT NULL DEFAULT 0 CHECK (calcium_to_magnesium >= 0 AND calcium_to_magnesium < 1e300),
  air REAL NOT NULL DEFAULT 0 CHECK (air >= 0 AND air < 1e300)
) STRICT;
CREATE INDEX water_recipes_system ON water_recipes(system_id) WHERE system_id IS NOT NULL;

CREATE TABLE recipe_portions (
  id INTEGER PRIMARY KEY,
  recipe_id INTEGER NOT NULL REFERENCES water_recipes(id) ON DELETE CASCADE,
  system_id INTEGER NOT NULL REFERENCES systems(id),
  litres REAL NOT NULL DEFAULT 0 CHECK (litres >= 0 AND litres < 1e300),
  UNIQUE (recipe_id, system_id)
) STRICT;
CREATE INDEX recipe_portions_system ON recipe_portions(system_id);

CREATE TABLE recipe_goals (
  id INTEGER PRIMARY KEY,
  recipe_id INTEGER NOT NULL REFERENCES water_recipes(id) ON DELETE CASCADE,
  analyte_id INTEGER NOT NULL REFERENCES analytes(id),
  value REAL NOT NULL CHECK (abs(value) < 1e300),
  at_most INTEGER NOT NULL DEFAULT 0 CHECK (at_most IN (0, 1)),
  UNIQUE (recipe_id, analyte_id)
) STRICT;

CREATE TABLE recipe_products (
  id INTEGER PRIMARY KEY,
  recipe_id INTEGER NOT NULL REFERENCES water_recipes(id) ON DELETE CASCADE,
  product_id INTEGER NOT NULL REFERENCES products(id),
  UNIQUE (recipe_id, product_id)
) STRICT;
CREATE INDEX recipe_products_product ON recipe_products(product_id);
