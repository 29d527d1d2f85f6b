"""A reference client: how a device keeps the record where there is no signal, and hands it over later, once.

It uses nothing of the service and nothing but the standard library, so that it can be read as a recipe.

- ``store.py``: one SQLite file for each person on a device: outbox and sent box, the copy of the book, the cursor.
- ``device.py``: what a device does, and what each answer of the service makes it do.
- ``pages.py``: what stands in a page of a pull.
- ``transport.py``: how a request gets there: over HTTP, or within the process of a test.
"""
