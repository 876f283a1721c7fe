"""Problems and demonstrations."""
