"""From raw counts to mass, flow and what is known of their error. Pure: no clock, no I/O."""
