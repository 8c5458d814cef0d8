"""Form fields: text that people type becomes typed values here, once, or a sentence that says how to fix it."""
