//! A checked triangle mesh.
