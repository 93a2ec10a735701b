//! Job cards and batch sheets as PDF.
