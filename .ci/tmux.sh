# What the scripts that work in tmux share; they define tm, which calls it.

wait_for() { # TEXT: the screen shows it within a minute
	for _ in $(seq 600); do
		tm capture-pane -p | grep -qF -- "$1" && return 0
		sleep 0.1
	done
	echo "FAILED: waited for: $1"
	tm capture-pane -p
	exit 1
}
