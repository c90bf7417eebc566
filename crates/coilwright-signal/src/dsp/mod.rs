//! Down-conversion, filters, windows and spectra.
