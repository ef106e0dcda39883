package scenario

import (
	"fmt"

	"gopkg.in/yaml.v3"

	"tugback/internal/treatment"
)

// Stripped returns what growing and running the case needs and no more, as a scenario file: without
// comments, rules, protocol, quiz, pass mark and total, and with the tray written out. Parse reads it
// back; its digest differs from the scenario's. Checked by TestStripped in package exam.
func (s Scenario) Stripped() ([]byte, error) {
	top, faults := s.src.parse()
	if top == nil {
		return nil, faults.err()
	}
	kept := &yaml.Node{Kind: yaml.MappingNode}
	named := false
	for i := 0; i+1 < len(top.Content); i += 2 {
		switch top.Content[i].Value {
		case "rules", "protocol", "quiz", "pass", "total", "tray", "drill":
			continue
		case "name":
			named = true
		}
		kept.Content = append(kept.Content, top.Content[i], top.Content[i+1])
	}
	if !named {
		kept.Content = append(kept.Content, plain("name"), plain(s.name))
	}
	if len(s.tray) > 0 {
		list := &yaml.Node{Kind: yaml.SequenceNode}
		for _, id := range s.tray {
			list.Content = append(list.Content, plain(id))
		}
		kept.Content = append(kept.Content, plain("tray"), list)
	}
	if drill, is := s.Drill(); is {
		kept.Content = append(kept.Content, plain("drill"), drill.node())
	}
	uncomment(kept, 0)
	text, err := yaml.Marshal(kept)
	if err != nil {
		return nil, fmt.Errorf("strip scenario %s: %w", s.name, err)
	}
	return text, nil
}

func plain(text string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Value: text} }

// node returns a drill with its steps written out.
func (d Drill) node() *yaml.Node {
	steps := &yaml.Node{Kind: yaml.SequenceNode}
	for i := range d.Steps {
		fields := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle}
		for _, f := range treatment.Fields(d.Steps[i].Do) {
			if text := fieldText(f, &d.Steps[i]); text != "" {
				fields.Content = append(fields.Content, plain(f.Key), plain(text))
			}
		}
		steps.Content = append(steps.Content, &yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{plain(string(d.Steps[i].Do)), fields}})
	}
	group := &yaml.Node{Kind: yaml.MappingNode}
	if d.Goal != "" {
		group.Content = append(group.Content, plain("goal"), &yaml.Node{Kind: yaml.ScalarNode, Value: d.Goal, Style: yaml.DoubleQuotedStyle})
	}
	group.Content = append(group.Content, plain("steps"), steps)
	return group
}

// uncomment takes the comments off a tree; a scenario is never deeper than a few levels.
func uncomment(node *yaml.Node, depth int) {
	node.HeadComment, node.LineComment, node.FootComment = "", "", ""
	if depth > 32 {
		return
	}
	for _, n := range node.Content {
		uncomment(n, depth+1)
	}
}
