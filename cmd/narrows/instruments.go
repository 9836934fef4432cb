package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"narrows/knowledge"
	"narrows/session"
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// ownInstruments is the user's own list in the data folder.
const ownInstruments = "instruments.yaml"

// instrumentsPath is where the user's own list lies.
func (p *program) instrumentsPath() (string, error) {
	st, err := p.store()
	return filepath.Join(filepath.Dir(st.Dir), ownInstruments), err
}

// instruments are those of the program and then the user's own, from the index own on.
// Where the own list has a fault the others are there all the same, and the error says
// what to mend.
func (p *program) instruments() (all []*knowledge.Instrument, own int, err error) {
	built, err := knowledge.EmbeddedInstruments()
	if err != nil {
		return nil, 0, err
	}
	lib, problems := knowledge.Load([]knowledge.Source{built})
	if err := problems.Err(); err != nil {
		return nil, 0, err
	}
	all = lib.Instruments()
	path, err := p.instrumentsPath()
	if err != nil {
		return all, len(all), err
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return all, len(all), nil
	}
	mine, err := knowledge.ReadSource(path)
	if err != nil {
		return all, len(all), err
	}
	lib, problems = knowledge.Load([]knowledge.Source{built, mine})
	if len(problems) > 0 {
		return all, len(all), fmt.Errorf("your own instruments are left out: %w", problems[0])
	}
	return lib.Instruments(), len(all), nil
}

// equip hands the instruments to a case. A fault in the user's list is told, and
// keeps nobody from working.
func (p *program) equip(o *session.Open) error {
	all, _, err := p.instruments()
	o.Equip(all)
	if err != nil {
		return p.screen().warn(p.errOut, []string{"narrows: " + err.Error()})
	}
	return nil
}

func (p *program) instrumentsCommand() *cobra.Command {
	c := &cobra.Command{
		Use: "instruments", Short: "list the instruments that readings can be weighed with",
		Long: "Lists the instruments that the prompt's using can take: those that come with the\n" +
			"program, with typical figures, and your own, which lie in " + ownInstruments + " in the data\n" +
			"folder. Noise differs from reading to reading, and repeats average it out; the\n" +
			"gauge's error is one for all its readings; both are standard uncertainties. A\n" +
			"maker's accuracy is the largest error that is stated.",
		Args: takes(0, 0),
		RunE: func(*cobra.Command, []string) error { return p.listInstruments() },
	}
	c.AddCommand(p.addInstrumentCommand(), p.removeInstrumentCommand())
	return c
}

// instrumentJSON is one line of the list.
type instrumentJSON struct {
	ID       string             `json:"id"`
	Title    string             `json:"title"`
	Quantity quantity.Dimension `json:"quantity"`
	Figures  measure.Figures    `json:"figures"`
	Source   string             `json:"source,omitempty"`
	Note     string             `json:"note,omitempty"`
	Own      bool               `json:"own,omitempty"`
}

func (p *program) listInstruments() error {
	all, own, err := p.instruments()
	if err != nil {
		return err
	}
	if p.json {
		v := struct {
			Kind        string           `json:"kind"`
			Instruments []instrumentJSON `json:"instruments"`
		}{Kind: "instruments"}
		for i, x := range all {
			v.Instruments = append(v.Instruments, instrumentJSON{x.ID, x.Title, x.Of, x.Figures, x.Source, x.Note, i >= own})
		}
		b, err := json.Marshal(v)
		if err != nil {
			return fmt.Errorf("the list cannot be written as JSON: %w", err)
		}
		return p.screen().raw(string(b) + "\n")
	}
	v := session.View{Kind: "instruments"}
	for i, x := range all {
		mine := ""
		if i >= own {
			mine = "  (own)"
		}
		v.Text = append(v.Text, fmt.Sprintf("%-20s %-17s %s%s", x.ID, x.Of, x.Figures, mine))
	}
	return p.screen().list(v)
}

func (p *program) addInstrumentCommand() *cobra.Command {
	var x knowledge.NewInstrument
	c := &cobra.Command{
		Use: "add ID", Short: "add an instrument of your own",
		Example: "  narrows instruments add old_gauge --title 'old brass gauge' --quantity pressure --noise '2 psi' --gauge '3 psi'\n" +
			"  narrows instruments add my_meter --title 'my meter on ohms' --quantity resistance --accuracy '0.8 % + 3 digits' --step '0.1 ohm'",
		Args: takes(1, 1),
		RunE: func(_ *cobra.Command, args []string) error {
			x.ID = args[0]
			return p.editInstruments("added: "+x.ID, func(path string, data []byte) ([]byte, error) {
				if built, _, err := p.instruments(); err == nil {
					for _, have := range built {
						if have.ID == x.ID {
							return nil, fmt.Errorf("the identifier %q is in use; take another", x.ID)
						}
					}
				}
				return knowledge.AddInstrument(path, data, x)
			})
		},
	}
	for _, f := range []struct {
		to         *string
		name, help string
	}{
		{&x.Title, "title", "what it is called; using finds it by these words"},
		{&x.Quantity, "quantity", "what it reads: pressure, resistance, voltage, length, ..."},
		{&x.Noise, "noise", "standard `uncertainty` of one reading that repeats average out"},
		{&x.Gauge, "gauge", "standard `uncertainty` that all its readings share"},
		{&x.Accuracy, "accuracy", "the maker's `statement`, as '0.8 % + 3 digits'"},
		{&x.Step, "step", "what one `digit` of it is, as '0.1 ohm'"},
		{&x.Source, "source", "what the figures rest on"},
		{&x.Note, "note", "anything to remember of it"},
	} {
		c.Flags().StringVar(f.to, f.name, "", f.help)
	}
	return c
}

func (p *program) removeInstrumentCommand() *cobra.Command {
	return &cobra.Command{
		Use: "remove ID", Short: "remove an instrument of your own", Args: takes(1, 1),
		RunE: func(_ *cobra.Command, args []string) error {
			return p.editInstruments("removed: "+args[0], func(path string, data []byte) ([]byte, error) {
				return knowledge.RemoveInstrument(path, data, args[0])
			})
		},
	}
}

// editInstruments writes the user's list anew; the old one stays until the new one is
// whole. What is wrong with the call is told, and nothing changes.
func (p *program) editInstruments(done string, change func(path string, data []byte) ([]byte, error)) error {
	path, err := p.instrumentsPath()
	if err != nil {
		return err
	}
	data, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("your instruments cannot be read: %w", err)
	}
	out, err := change(path, data)
	if err != nil {
		return &usageError{err.Error(), ""}
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return fmt.Errorf("the data folder cannot be made: %w", err)
	}
	if err := replace(path, out); err != nil {
		return fmt.Errorf("your instruments cannot be written: %w; the old list stands", err)
	}
	return p.screen().show(session.View{Kind: "instruments", Text: []string{"Instrument " + done + "."}})
}
