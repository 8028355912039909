package lsp

// The part of the Language Server Protocol 3.17 that the server speaks, by the names of its specification.

type position struct {
	Line      int `json:"line"`
	Character int `json:"character"`
}

// area is a Range.
type area struct {
	Start position `json:"start"`
	End   position `json:"end"`
}

type location struct {
	URI   string `json:"uri"`
	Range area   `json:"range"`
}

type documentID struct {
	URI     string `json:"uri"`
	Version int    `json:"version,omitempty"`
}

type textDocument struct {
	documentID
	Text string `json:"text"`
}

type atPosition struct {
	TextDocument documentID `json:"textDocument"`
	Position     position   `json:"position"`
}

type initializeParams struct {
	RootURI          string `json:"rootUri"`
	WorkspaceFolders []struct {
		URI string `json:"uri"`
	} `json:"workspaceFolders"`
	Capabilities struct {
		General struct {
			PositionEncodings []string `json:"positionEncodings"`
		} `json:"general"`
		TextDocument struct {
			Completion struct {
				CompletionItem struct {
					SnippetSupport bool `json:"snippetSupport"`
				} `json:"completionItem"`
			} `json:"completion"`
			DocumentSymbol struct {
				HierarchicalDocumentSymbolSupport bool `json:"hierarchicalDocumentSymbolSupport"`
			} `json:"documentSymbol"`
		} `json:"textDocument"`
		Workspace struct {
			DidChangeWatchedFiles struct {
				DynamicRegistration bool `json:"dynamicRegistration"`
			} `json:"didChangeWatchedFiles"`
		} `json:"workspace"`
	} `json:"capabilities"`
}

type diagnostic struct {
	Range              area      `json:"range"`
	Severity           int       `json:"severity"`
	Code               string    `json:"code,omitempty"`
	Source             string    `json:"source"`
	Message            string    `json:"message"`
	RelatedInformation []related `json:"relatedInformation,omitempty"`
}

type related struct {
	Location location `json:"location"`
	Message  string   `json:"message"`
}

type textEdit struct {
	Range   area   `json:"range"`
	NewText string `json:"newText"`
}

type workspaceEdit struct {
	Changes map[string][]textEdit `json:"changes"`
}

type completionItem struct {
	Label            string   `json:"label"`
	Kind             int      `json:"kind"`
	Detail           string   `json:"detail,omitempty"`
	Documentation    *markup  `json:"documentation,omitempty"`
	SortText         string   `json:"sortText"`
	FilterText       string   `json:"filterText"`
	InsertTextFormat int      `json:"insertTextFormat"`
	TextEdit         textEdit `json:"textEdit"`
}

type markup struct {
	Kind  string `json:"kind"`
	Value string `json:"value"`
}

type documentSymbol struct {
	Name           string           `json:"name"`
	Detail         string           `json:"detail,omitempty"`
	Kind           int              `json:"kind"`
	Range          area             `json:"range"`
	SelectionRange area             `json:"selectionRange"`
	Children       []documentSymbol `json:"children,omitempty"`
}

type symbolInformation struct {
	Name     string   `json:"name"`
	Kind     int      `json:"kind"`
	Location location `json:"location"`
}

type codeAction struct {
	Title       string         `json:"title"`
	Kind        string         `json:"kind"`
	Diagnostics []diagnostic   `json:"diagnostics,omitempty"`
	IsPreferred bool           `json:"isPreferred,omitempty"`
	Edit        *workspaceEdit `json:"edit,omitempty"`
	Command     *command       `json:"command,omitempty"`
}

type command struct {
	Title     string `json:"title"`
	Command   string `json:"command"`
	Arguments []any  `json:"arguments,omitempty"`
}

type contentChange struct {
	Range *area  `json:"range"`
	Text  string `json:"text"`
}

type hover struct {
	Contents markup `json:"contents"`
	Range    area   `json:"range"`
}

type foldingRange struct {
	StartLine int `json:"startLine"`
	EndLine   int `json:"endLine"`
}

type documentLink struct {
	Range  area   `json:"range"`
	Target string `json:"target"`
}

// The numbers of the protocol's enumerations that are used.
const (
	severityError       = 1
	severityWarning     = 2
	severityInformation = 3
	severityHint        = 4

	itemKeyword  = 14
	itemVariable = 6
	itemProperty = 10
	itemSnippet  = 15
	itemUnit     = 11

	plainText = 1
	snippet   = 2

	symbolNamespace = 3
	symbolMethod    = 6
	symbolField     = 8
	symbolArray     = 18
	symbolObject    = 19
	symbolEvent     = 24
)
