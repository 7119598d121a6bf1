"""Signs where fraud usually enters, with the reason for each; common practice."""
