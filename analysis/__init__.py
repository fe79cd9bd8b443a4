"""The computation: pure functions of arrays and frames. No files, network, database, clock or environment."""
