"""The stewardship project: settings and the domain, from rules to web pages."""
