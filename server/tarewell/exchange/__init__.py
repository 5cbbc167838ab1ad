"""The interface between the machine and its front: requests, answers and events, and their encoding."""
