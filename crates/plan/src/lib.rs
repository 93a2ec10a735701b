//! Tasks, calendars, a scheduler and its independent checker.
