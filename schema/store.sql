-- The knowledge base as built from data/: one row per row of the text files.
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE property (
    position INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, name TEXT NOT NULL, unit TEXT NOT NULL, kind TEXT NOT NULL,
    low REAL, high REAL, choices TEXT NOT NULL, conditions TEXT NOT NULL, grouping TEXT NOT NULL, families TEXT NOT NULL, meaning TEXT NOT NULL);
CREATE TABLE source (id TEXT PRIMARY KEY, kind TEXT NOT NULL, citation TEXT NOT NULL, year TEXT NOT NULL, address TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE ingredient (
    id TEXT PRIMARY KEY, name TEXT NOT NULL, family TEXT NOT NULL, kin TEXT NOT NULL, form TEXT NOT NULL, origin TEXT NOT NULL, functions TEXT NOT NULL,
    e_number TEXT NOT NULL, cas TEXT NOT NULL, note TEXT NOT NULL, commonness TEXT NOT NULL, own INTEGER NOT NULL, file TEXT NOT NULL, line INTEGER NOT NULL) WITHOUT ROWID;
CREATE TABLE name (position INTEGER PRIMARY KEY, ingredient TEXT NOT NULL REFERENCES ingredient(id), name TEXT NOT NULL, kind TEXT NOT NULL, region TEXT NOT NULL);
CREATE TABLE value (
    position INTEGER PRIMARY KEY, ingredient TEXT NOT NULL REFERENCES ingredient(id), property TEXT NOT NULL, condition TEXT NOT NULL,
    low REAL, typical REAL, high REAL, text TEXT NOT NULL, unit TEXT NOT NULL, source TEXT NOT NULL REFERENCES source(id),
    locator TEXT NOT NULL, note TEXT NOT NULL, own INTEGER NOT NULL, file TEXT NOT NULL, line INTEGER NOT NULL);
CREATE TABLE part (position INTEGER PRIMARY KEY, ingredient TEXT NOT NULL REFERENCES ingredient(id), part TEXT NOT NULL REFERENCES ingredient(id) DEFERRABLE INITIALLY DEFERRED, share REAL NOT NULL);
CREATE TABLE kin (position INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, name TEXT NOT NULL, parent TEXT NOT NULL, siblings INTEGER NOT NULL, meaning TEXT NOT NULL, members TEXT NOT NULL);
CREATE TABLE shelf (ingredient TEXT PRIMARY KEY REFERENCES ingredient(id) DEFERRABLE INITIALLY DEFERRED) WITHOUT ROWID;
CREATE TABLE allergen (
    position INTEGER PRIMARY KEY, ingredient TEXT NOT NULL REFERENCES ingredient(id), substance TEXT NOT NULL, presence TEXT NOT NULL,
    list TEXT NOT NULL, source TEXT NOT NULL, locator TEXT NOT NULL, condition TEXT NOT NULL);
CREATE TABLE allergen_list (position INTEGER PRIMARY KEY, list TEXT NOT NULL, allergen TEXT NOT NULL, substance TEXT NOT NULL, note TEXT NOT NULL, source TEXT NOT NULL, locator TEXT NOT NULL);
CREATE TABLE word (position INTEGER PRIMARY KEY, vocabulary TEXT NOT NULL, word TEXT NOT NULL, meaning TEXT NOT NULL, detail TEXT NOT NULL);
CREATE TABLE rule_file (path TEXT PRIMARY KEY, text TEXT NOT NULL) WITHOUT ROWID;
CREATE INDEX value_by_property ON value(property, ingredient);
