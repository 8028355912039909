package served

import (
	"context"
	"errors"
	"net/http"
	"time"
)

// Until runs a server's serve function, such as server.Serve with its listener, until
// ctx ends. Requests that are under way then have the grace to end by themselves. A
// server that was stopped so is no error.
func Until(ctx context.Context, server *http.Server, grace time.Duration, serve func() error) error {
	stopped := make(chan struct{})
	stop := context.AfterFunc(ctx, func() {
		defer close(stopped)
		limited, cancel := context.WithTimeout(context.WithoutCancel(ctx), grace)
		defer cancel()
		if server.Shutdown(limited) != nil {
			server.Close()
		}
	})
	err := serve()
	if !stop() {
		<-stopped
	}
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}
