"""The REST and sync endpoints: one module per resource, over the verbs and reads of the domain."""
