"""What a public page shows: plain values drawn from a record, a file for each thing shown."""
