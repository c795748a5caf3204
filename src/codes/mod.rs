//! SAE J1939-73 messages: trouble codes from raw bytes.
