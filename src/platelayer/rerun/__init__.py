"""Files made from files: a cut that stopped, an air pass, a trace."""
