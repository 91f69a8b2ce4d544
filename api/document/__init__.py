"""The OpenAPI document, made from the types and the vocabulary."""
