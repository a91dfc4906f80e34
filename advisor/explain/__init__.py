"""Why a cause stands where it stands, and why not another one."""
