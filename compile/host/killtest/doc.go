// Package killtest kills a class host under load and looks for what it lost. It has tests only.
package killtest
