"""The demo: an invented group whose records are played through ``push``, in the order in which they came about.

What its people said stands in ``fixtures/demo`` in a short form; this package writes it out as mutations.
"""

DEMO_ACCOUNTS = ["coordinator@demo.example", "volunteer@demo.example", "board@demo.example"]
DEMO_PASSWORD = "try-the-demo"
