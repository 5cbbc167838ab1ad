"""The border between the machine and its front: what is asked, answered and told, and how it crosses."""
