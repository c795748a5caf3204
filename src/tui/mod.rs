//! Terminal, key table, theme, screens and widgets.
