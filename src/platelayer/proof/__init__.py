"""The dry run: what the files would leave on the board, held against what the manifest asks for."""
