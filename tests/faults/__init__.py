"""Faults of processes and of the network: servers are killed while devices push through a proxy that loses things."""
