#!/usr/bin/env bash
# Goes through a timed check in a real terminal, that of tmux, with a clock that is
# set by hand: the wait is shown beside the typing, the program is killed in the
# middle of it, taken up again, and ends with the reading.
#
#   .ci/timed-tmux.sh ./narrows
set -u
PROGRAM=$(realpath -- "${1:?usage: timed-tmux.sh PROGRAM}") || exit 2
command -v tmux >/dev/null || { echo "skipped: tmux is not installed, so no timed check was gone through in it"; exit 0; }
unset TMUX NO_COLOR ACCESSIBLE
DIR=$(mktemp -d)
tm() { tmux -L "timed-$$" -f /dev/null "$@"; }
trap 'tm kill-server 2>/dev/null; rm -rf -- "$DIR"' EXIT

clock() { printf '2026-05-04T%s\n' "$1" >"$DIR/clock.new" && mv "$DIR/clock.new" "$DIR/clock"; }
. "$(dirname -- "${BASH_SOURCE[0]}")/tmux.sh"
last() { tm capture-pane -p | grep -v '^ *$' | tail -n 1; }
line_is() { # PATTERN: the last line comes to be that within a minute
	for _ in $(seq 600); do
		last | grep -qE -- "$1" && return 0
		sleep 0.1
	done
	echo "FAILED: the last line is not: $1"
	tm capture-pane -p
	exit 1
}
enter() { # LINE TEXT: typing the line brings the text
	tm send-keys -l -- "$1"
	tm send-keys Enter
	wait_for "$2"
}

clock 08:00:00Z
tm new-session -d -x 80 -y 24 "env PS1='$ ' bash --norc --noprofile"
tm send-keys -l "'$PROGRAM' --clock '$DIR/clock' --home '$DIR/home'; echo was-''killed"
tm send-keys Enter
line_is '^narrows> *$'
enter 'black smoke when warm, starts fine' 'as understood'
enter 'check enricher growth' 'Bench supply'
enter '' 'cold at enricher 2'
enter '12.1 mm' 'cold at enricher 3'
enter '12.0 mm' 'Draw at once at enricher 2'
enter '1.30 A' 'Draw at once at enricher 3'
enter '1.28 A' 'wait begins it'
enter 'wait' '5 min of 5 min left'
line_is '^\[\.{10}\] 5:00> *$'
tm send-keys -l 'note all qui'
clock 08:00:30Z
line_is '^\[#\.{9}\] 4:30> note all qui *$' # the wait goes on beside the typing
enter 'et' 'Noted.'
clock 08:02:30Z
line_is '^\[#{5}\.{5}\] 2:30> *$'
enter '0.42 A' '2 min 30 s of 5 min are left'

pkill -9 -f -- "--home $DIR/home" || { echo "FAILED: nothing to kill"; exit 1; }
wait_for was-killed
clock 08:03:00Z
tm send-keys -l "clear; stty sane; stty -a >'$DIR/before'; '$PROGRAM' --clock '$DIR/clock' --home '$DIR/home'; stty -a >'$DIR/after'; echo shell-''again"
tm send-keys Enter
wait_for 'Taken up again where it was left'
line_is '^\[#{6}\.{4}\] 2:00> *$'
clock 08:05:00Z
wait_for 'Draw after five minutes at enricher 2'
line_is '^narrows> *$'
enter '0.42 A' 'five minutes at enricher 3'
enter '0.40 A' 'warm at enricher 2'
enter '162 mm' 'is outside of what can be expected'
enter '16.2 mm' 'warm at enricher 3'
enter '13.9 mm' '1.90 mm'
wait_for 'does not conform'
tm send-keys -l 'quit'
tm send-keys Enter
wait_for shell-again
cmp -s "$DIR/before" "$DIR/after" || { echo "FAILED: the terminal is not as it was"; cat "$DIR/before" "$DIR/after"; exit 1; }

id=$(ls "$DIR/home/cases")
"$PROGRAM" --home "$DIR/home" verify "$id" || exit 1
n=$(grep -c '"kind":"step"' "$DIR/home/cases/$id/journal.jsonl")
[ "$n" = 9 ] || { echo "FAILED: $n steps in the journal, not 9"; exit 1; }
"$PROGRAM" --home "$DIR/home" report "$id" | grep -q 'wait begun' || { echo "FAILED: the report does not tell of the wait"; exit 1; }
echo "ok      a timed check in tmux: the wait beside the typing, killed in its middle, taken up again, a slip questioned"
