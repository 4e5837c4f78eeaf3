"""The pages, a module a subject: form, one use case, view model, template."""
