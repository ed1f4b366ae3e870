"""What tests and benchmarks are measured on: forays, finds, references, catalogues and pictures that are made up."""
