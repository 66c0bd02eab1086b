"""What a fabricator takes to the bench as PDF: cut tickets, drill sheets, templates, bar maps."""
