//! Criterion benchmarks live beside this file, under `benches/`.
