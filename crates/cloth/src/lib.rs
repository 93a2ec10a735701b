//! Develops tiles of cloth through a route into pictures.
