"""The OpenAPI document that is committed, and what would break those who were promised the last one."""
