"""The only place where ports meet adapters, and where files of the installation are found."""
