"""Read FHIR resources (R4, R4B, R5) into a case, tolerantly: what cannot be read is left unstated, and said."""
