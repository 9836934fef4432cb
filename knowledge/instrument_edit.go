package knowledge

import (
	"bytes"
	"fmt"
	"slices"

	"gopkg.in/yaml.v3"
)

// NewInstrument is an instrument as a person states it; see the package comment for
// the texts. Empty ones are left out.
type NewInstrument struct {
	ID, Title, Quantity, Noise, Gauge, Accuracy, Step, Source, Note string
}

// AddInstrument is a list of instruments with one more, behind those that stand in it;
// their comments are kept. name is the file's, for errors; data may be empty. An error
// says what is wrong with the file, or with the instrument, and what to do.
func AddInstrument(name string, data []byte, x NewInstrument) ([]byte, error) {
	if len(bytes.TrimSpace(data)) == 0 {
		data = []byte("format: 1\ninstruments: {}\n")
	}
	doc, list, err := instrumentNodes(name, data)
	if err != nil {
		return nil, err
	}
	if at := instrumentAt(list, x.ID); at >= 0 {
		return nil, fmt.Errorf("the identifier %s is in use; take another, or remove that instrument first", quote(x.ID))
	}
	text := func(s string, style yaml.Style) *yaml.Node {
		return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s, Style: style}
	}
	entry := &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map", Style: yaml.FlowStyle}
	for _, f := range [][2]string{{"title", x.Title}, {"quantity", x.Quantity}, {"noise", x.Noise}, {"gauge", x.Gauge},
		{"accuracy", x.Accuracy}, {"step", x.Step}, {"source", x.Source}, {"note", x.Note}} {
		if f[1] != "" {
			entry.Content = append(entry.Content, text(f[0], 0), text(f[1], yaml.DoubleQuotedStyle))
		}
	}
	list.Style &^= yaml.FlowStyle
	list.Content = append(list.Content, text(x.ID, 0), entry)
	out, err := encoded(doc)
	if err != nil {
		return nil, err
	}
	if _, problems := Load([]Source{{name, out}}); len(problems) > 0 {
		return nil, fmt.Errorf("%s; %s", problems[0].What, problems[0].Mend)
	}
	return out, nil
}

// RemoveInstrument is a list of instruments with one less.
func RemoveInstrument(name string, data []byte, id string) ([]byte, error) {
	doc, list, err := instrumentNodes(name, data)
	if err != nil {
		return nil, err
	}
	at := instrumentAt(list, id)
	if at < 0 {
		return nil, fmt.Errorf("there is no instrument %s in %s; narrows instruments lists them", quote(id), name)
	}
	list.Content = slices.Delete(list.Content, at, at+2)
	if len(list.Content) == 0 {
		list.Style = yaml.FlowStyle
	}
	return encoded(doc)
}

// instrumentNodes reads a list that has no fault.
func instrumentNodes(name string, data []byte) (doc, list *yaml.Node, err error) {
	if _, problems := Load([]Source{{name, data}}); len(problems) > 0 {
		return nil, nil, fmt.Errorf("%w; mend the file first", problems[0])
	}
	doc = &yaml.Node{}
	if err := yaml.Unmarshal(data, doc); err != nil {
		return nil, nil, fmt.Errorf("%s: %w", name, err)
	}
	root := doc.Content[0]
	for i := 0; i+1 < len(root.Content); i += 2 {
		if root.Content[i].Value == "instruments" {
			return doc, root.Content[i+1], nil
		}
	}
	return nil, nil, fmt.Errorf("%s is no list of instruments; give another file", name)
}

// instrumentAt is where an identifier stands among keys and values, or -1.
func instrumentAt(list *yaml.Node, id string) int {
	for i := 0; i+1 < len(list.Content); i += 2 {
		if list.Content[i].Value == id {
			return i
		}
	}
	return -1
}

func encoded(doc *yaml.Node) ([]byte, error) {
	var b bytes.Buffer
	e := yaml.NewEncoder(&b)
	e.SetIndent(2)
	if err := e.Encode(doc); err != nil {
		return nil, fmt.Errorf("the list of instruments cannot be written: %w", err)
	}
	return b.Bytes(), e.Close()
}
