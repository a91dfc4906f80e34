"""Why a cause ranks where it does, and why not another one."""
