"""Why a failure may have happened, against written cases and worked examples."""
