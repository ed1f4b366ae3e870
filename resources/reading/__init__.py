"""Reading notes become the record, and the record becomes the tables that the program weighs with."""
