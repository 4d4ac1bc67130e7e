//! Empty: this package only names the one that ships the schema.
