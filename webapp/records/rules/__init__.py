"""Rules between the fields of one record, one subject a file; ``kinds_rules`` joins them."""
