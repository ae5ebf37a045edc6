//! Reading a bulge.
