"""The collection for programs: read it, examine, add what was met."""
