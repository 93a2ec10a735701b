//! Reads and writes the design folder: spans, findings, revisions, atomic writes.
