"""Everything held about one person as files: JSON, CSV, a FHIR bundle, and the report."""
