"""Music on staves, engraved."""
