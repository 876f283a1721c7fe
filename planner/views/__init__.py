"""Results as blocks, and the views that show them: terminal, HTML, paper."""
