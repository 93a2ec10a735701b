//! Sun position, clear sky, moist air, drying.
