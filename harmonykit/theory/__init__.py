"""Pure arithmetic on notes: numpy and the standard library, nothing else."""
