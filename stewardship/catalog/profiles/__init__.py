"""Rule profiles: what a jurisdiction asks of a record, as it is sent, kept and read."""
