//! `check` as one function, drafting, schema, phone sheet.
