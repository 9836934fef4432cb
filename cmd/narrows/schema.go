package main

import (
	"strings"

	"github.com/spf13/cobra"

	"narrows/knowledge"
)

func (p *program) schemaCommand() *cobra.Command {
	kinds := knowledge.SchemaKinds()
	return &cobra.Command{
		Use: "schema [" + strings.Join(kinds, "|") + "]", Short: "print the JSON Schema of the files, for editors", Args: takes(0, 1),
		Long: "Prints the JSON Schema (draft 2020-12) of a kind of file, or without a word one that\n" +
			"takes a file of any kind, so that an editor completes and checks while one types. What\n" +
			"names refer to, quantities and sums are for lint to check.",
		Example:   "  narrows schema > narrows.schema.json\n  narrows schema sheet > sheet.schema.json",
		ValidArgs: kinds,
		RunE: func(_ *cobra.Command, args []string) error {
			text, err := knowledge.JSONSchema(strings.Join(args, ""))
			if err != nil {
				return &usageError{err.Error(), ""}
			}
			return p.screen().raw(string(text))
		},
	}
}
