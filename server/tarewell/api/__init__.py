"""The REST API `/v1`: it puts requests to the operation and the store and never touches the port."""
