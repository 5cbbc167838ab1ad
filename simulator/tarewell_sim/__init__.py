"""A simulated dispenser: pumps, liquids, glass, scale and board behind the real line protocol."""
