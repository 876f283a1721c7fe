"""Problems read off a drawing or a table: loading graph, envelope on grid paper, tables, dipstick."""
