//! Colours of several regions solved together through the route that they share.
