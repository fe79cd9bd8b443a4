"""Makes the tests importable as `tests`, before a package of that name that a dependency installs."""
