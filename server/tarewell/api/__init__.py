"""The REST API `/v1`: it sends requests to the machine and the store and never touches the port."""
