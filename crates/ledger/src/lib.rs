//! What was really done: append-only events.
