"""The pages: Flask, WTForms and Jinja. Knows use cases and their results; knows no database."""
