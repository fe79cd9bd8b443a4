"""Log and readings -> the frames that `analysis` takes, exactly as `analysis.columns` says."""
