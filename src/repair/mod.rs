//! Wire, splice, sleeve, bundle, fuse, and where along the wire.
