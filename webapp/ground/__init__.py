"""What knows no subject: settings, security, database, texts, form fields, drawing. Every room stands on it."""
