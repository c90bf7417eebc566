//! Python bindings of Coilwright: the extension module `coilwright._core`.
