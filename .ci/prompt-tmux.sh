#!/usr/bin/env bash
# Tries the prompt of a built program on real terminals, those of tmux.
#
#   .ci/prompt-tmux.sh ./narrows
#
# What it needs to know of the program is in these variables:
#
#   PROMPT   what the prompt shows                        narrows>
#   HARMLESS a command that changes nothing               help
#   MARKER   a text that its output holds exactly once    Commands
#   QUIT     the command that leaves                      quit
#   ARGS     arguments of the program, in shell words     none
#
# Each check says "ok" or "FAILED" with the screen below; the exit code is 0
# only if all went well. Nothing outside a temporary folder is written: HOME
# and the XDG folders point into it.
set -u

PROGRAM=$(realpath -- "${1:?usage: prompt-tmux.sh PROGRAM}") || exit 2
PROMPT=${PROMPT:-narrows>}
HARMLESS=${HARMLESS:-help}
MARKER=${MARKER:-Commands}
QUIT=${QUIT:-quit}
RUN="$PROGRAM ${ARGS:-}"
PATIENCE=${PATIENCE:-60} # seconds that anything may take

if ! command -v tmux >/dev/null; then
	echo "skipped: tmux is not installed, so the prompt was not tried"
	exit 0
fi
unset TMUX NO_COLOR ACCESSIBLE

DIR=$(mktemp -d)
FAILED=0
tm() { tmux -L "narrows-$$" -f "$DIR/conf" "$@"; }
tidy() {
	tm kill-server 2>/dev/null
	rm -rf -- "$DIR"
}
trap tidy EXIT
trap 'exit 130' INT TERM
echo 'set -g history-limit 100000' >"$DIR/conf"
# The shell must write no codes of its own into what pipe-pane records.
printf 'set enable-bracketed-paste off\nset colored-stats off\n' >"$DIR/inputrc"

# --- the terminal -----------------------------------------------------------

# fresh COLS ROWS: a new terminal of that size with a plain shell.
fresh() {
	tm kill-server 2>/dev/null
	rm -f "$DIR"/raw "$DIR"/before "$DIR"/after
	until_ 'a new terminal' open_terminal "$1" "$2" || return
	tm pipe-pane "cat >>'$DIR/raw'"
	until_ 'a shell' shell_waits
}
# open_terminal fails while an older server is on its way out.
open_terminal() {
	tm new-session -d -x "$1" -y "$2" \
		"env PS1='$ ' INPUTRC='$DIR/inputrc' HOME='$DIR' XDG_DATA_HOME='$DIR/data' XDG_CONFIG_HOME='$DIR/config' XDG_STATE_HOME='$DIR/state' bash --norc --noprofile" 2>/dev/null
}
screen() { tm capture-pane -p; }
everything() { tm capture-pane -p -J -S -; }
keys() { tm send-keys "$@"; }
line() { # types text and Enter
	tm send-keys -l -- "$1"
	tm send-keys Enter
}
# last: the last line of the screen that is not blank.
last() { screen | sed -e 's/ *$//' | grep -v '^$' | tail -n 1; }

shell_waits() { [ "$(last)" = '$' ]; }
prompt_waits() { [ "$(last)" = "$PROMPT" ]; }
prompt_has() { last | grep -qF -- "$PROMPT $1"; }
marks() { everything | grep -oF -- "$MARKER" | wc -l; }
marks_are() { [ "$(marks)" -ge "$1" ]; }
file_there() { [ -s "$1" ]; }
program_pid() { pgrep -P "$(tm list-panes -F '#{pane_pid}')" | head -n 1; }

# until_ WHAT COMMAND...: polls until the command succeeds.
until_() {
	local what=$1 end=$((SECONDS + PATIENCE))
	shift
	until "$@"; do
		if [ $SECONDS -ge $end ]; then
			failed "waited in vain for $what"
			return 1
		fi
		sleep 0.02
	done
}

# --- saying what came of it -------------------------------------------------

ok() { echo "ok      $1"; }
failed() {
	FAILED=$((FAILED + 1))
	echo "FAILED  $1"
	screen 2>/dev/null | sed -e 's/^/        | /' -e '/| *$/d'
}
same() { # WHAT WANTED GOT
	if [ "$2" = "$3" ]; then ok "$1"; else failed "$1: wanted $2, got $3"; fi
}

# --- the program ------------------------------------------------------------

# start WORDS-BEFORE: notes the terminal's state and runs the program.
start() {
	line "stty -a >$DIR/before; $1 $RUN"
}
# started COLS ROWS [WORDS-BEFORE]: a fresh terminal where the prompt waits.
started() {
	fresh "$1" "$2" && start "${3:-}" && until_ 'the prompt' prompt_waits
}
# left WHAT [CODES]: the program has ended, with one of the exit codes (a
# pattern), and the terminal is as it was.
left() {
	until_ "the shell after $1" shell_waits || return
	line "echo code \$?; stty -a >$DIR/after"
	until_ 'the state after' file_there "$DIR/after" || return
	if ! cmp -s "$DIR/before" "$DIR/after"; then
		failed "$1: the terminal is not as it was"
		diff "$DIR/before" "$DIR/after"
	elif ! screen | grep -qE "^code ${2:-0}$"; then
		failed "$1: exit code is not ${2:-0}"
	else
		ok "$1: exit code, and the terminal as before"
	fi
}
quits() {
	line "$QUIT"
	left "$1"
}

# --- the checks -------------------------------------------------------------

try_exits() {
	started 80 24 || return
	line "$HARMLESS"
	until_ 'an answer' marks_are 1
	quits 'quit'
	started 80 24 || return
	keys C-d
	left 'Ctrl-D on an empty line'
	started 80 24 || return
	tm send-keys -l 'half a line'
	until_ 'typed text' prompt_has 'half a line'
	kill -TERM "$(program_pid)"
	left 'SIGTERM in the middle of a line' '[0-9]+'
	if [ -n "${PANIC:-}" ]; then # for a program with a command that fails on purpose
		started 80 24 || return
		line "$PANIC"
		left 'a panic' '[0-9]+'
	fi
}

try_ctrl_c() {
	started 80 24 || return
	tm send-keys -l 'half a line'
	until_ 'typed text' prompt_has 'half a line'
	keys C-c
	until_ 'the prompt after Ctrl-C' prompt_waits || return
	line "$HARMLESS"
	until_ 'an answer after Ctrl-C' marks_are 1
	quits 'Ctrl-C drops a line, not the program'
}

# try_burst LINES: they are pasted at once, and each is run.
try_burst() {
	started 80 24 || return
	for ((i = 0; i < $1; i++)); do echo "$HARMLESS"; done >"$DIR/lines"
	tm load-buffer "$DIR/lines"
	tm paste-buffer
	until_ "$1 answers" marks_are "$1" && until_ 'the prompt' prompt_waits
	same "a burst of $1 lines" "$1" "$(marks)"
	quits "after a burst of $1 lines"
}

try_resizes() {
	started 80 24 || return
	for ((i = 0; i < 200; i++)); do
		keys Enter
		tm resize-window -x $((40 + i % 60)) -y $((10 + i % 20))
	done
	tm resize-window -x 80 -y 24
	until_ 'the last size' width_is 80
	line "$HARMLESS"
	until_ 'an answer after 200 Enters against resizes' marks_are 1 && ok '200 Enters against 200 resizes'
	quits 'after the resizes'
}

# try_resized_text: a line being typed stays, once, through other sizes. (tmux
# itself moves the top row of a screen that it wraps anew out of the program's
# reach, so the line stands further down.)
try_resized_text() {
	started 80 24 'seq 9;' || return
	local text='a line that is longer than the window will be in a moment'
	tm send-keys -l "$text"
	until_ 'typed text' prompt_has "$text"
	for cols in 50 30 100 80; do
		tm resize-window -x $cols
		until_ "the width $cols" width_is $cols
		until_ "the text at width $cols" text_is "$PROMPT $text"
	done
	same 'typed text through four widths' 1 "$(everything | grep -cF -- "$PROMPT $text")"
	keys C-c
	until_ 'the prompt' prompt_waits
	quits 'after typed text was resized'
}
# text_is TEXT: it stands on the screen, wrapped or not.
text_is() { tm capture-pane -p -J | tr -d '\n' | grep -qF -- "$1"; }
# width_is COLS: tmux tells the program of a new size a moment after it has
# changed its own, so ask the terminal and not tmux.
width_is() { [ "$(stty -F "$(tm display-message -p '#{pane_tty}')" size)" = "24 $1" ]; }

# try_size COLS ROWS: a small window shows the end of what was said, and the
# prompt; keys and menu do no harm.
try_size() {
	started "$1" "$2" || return
	line "$HARMLESS"
	until_ "an answer at $1x$2" marks_are 1
	until_ 'the prompt' prompt_waits
	tm send-keys -l "${HARMLESS:0:1}"
	keys Tab Tab Tab BTab C-c
	until_ 'the prompt after the menu' prompt_waits
	line "$HARMLESS"
	until_ "a second answer at $1x$2" marks_are 2 && ok "a window of $1x$2"
	until_ 'the prompt' prompt_waits
	quits "after a window of $1x$2"
}

try_no_color() {
	started 80 24 'NO_COLOR=1' || return
	tm send-keys -l "${HARMLESS:0:1}"
	keys Tab
	keys Enter
	line "$HARMLESS"
	until_ 'an answer under NO_COLOR' marks_are 1
	until_ 'the prompt' prompt_waits
	quits 'under NO_COLOR'
	same 'colours under NO_COLOR' 0 "$(grep -acE $'\x1b\\[([0-9]+;)*([34][0-8]|9[0-7]|10[0-7])(;[0-9]+)*m' "$DIR/raw")"
}

# try_plain WHAT WORDS-BEFORE: the program reads plain lines there, and writes
# no codes and no prompt.
try_plain() {
	fresh 80 24 || return
	line "stty -a >$DIR/before; echo begin; $2 $RUN; echo end \$?"
	until_ 'the start' grep -qaE '^begin' "$DIR/raw"
	line "$HARMLESS"
	until_ "an answer with $1" marks_are 1
	line "$QUIT"
	until_ "the end with $1" grep -qaE '^end 0' "$DIR/raw" || return
	same "codes with $1" 0 "$(sed -n '/^begin/,/^end/p' "$DIR/raw" | grep -ac $'\x1b')"
	same "prompts with $1" 0 "$(everything | grep -cF -- "$PROMPT")"
	left "plain lines with $1"
}

try_kill_server() {
	started 80 24 || return
	tm send-keys -l 'half a line'
	until_ 'typed text' prompt_has 'half a line'
	local pid
	pid=$(program_pid)
	tm kill-server
	until_ 'the end of the program after kill-server' gone "$pid" && ok 'kill-server leaves no process'
}
gone() { ! kill -0 "$1" 2>/dev/null; }

try_exits
try_ctrl_c
try_burst 20
try_burst 300
try_resizes
try_resized_text
try_size 24 4
try_size 80 6
try_no_color
try_plain 'TERM=dumb' 'TERM=dumb'
try_plain 'ACCESSIBLE' 'ACCESSIBLE=1'
if command -v setsid >/dev/null; then
	try_plain 'no controlling terminal' 'setsid -w'
else
	echo 'skipped: setsid is not installed, so no program without a controlling terminal'
fi
try_kill_server

if [ $FAILED -gt 0 ]; then
	echo "$FAILED checks failed"
	exit 1
fi
echo 'all well'
