"""Mail and paper: writing letters and sheets, carrying them, fetching mail and reading answers out of it.

Adapters of `learning.ports.post`. Knows no database and no page of the site.
"""
