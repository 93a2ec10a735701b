//! Artwork to copper stamp: outlines, layouts, the wax mask as distance.
