"""An aircraft's profile: the record, its checks, its mass record."""
