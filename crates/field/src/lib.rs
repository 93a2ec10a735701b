//! Hash, noise, cells, marks, FIR, planes and lattices; the only home of SIMD dispatch.
