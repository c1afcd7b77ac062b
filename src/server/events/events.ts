import type { ServerResponse } from 'node:http';

/** Streams at a time: a few windows. More would be a page that opens them without end. */
const mostStreams = 64;
/** Between two signs of life, so that nothing on the way takes the stream for dead [ms]. */
const heartbeat = 15_000;

/** Server-sent events to every window. */
export class Events {
  private readonly streams = new Set<ServerResponse>();
  private readonly timer = setInterval(() => this.write(': alive\n\n'), heartbeat);

  constructor() {
    this.timer.unref();
  }

  /** @returns false when there are too many streams */
  add(stream: ServerResponse): boolean {
    if (this.streams.size >= mostStreams) return false;
    this.streams.add(stream);
    stream.on('close', () => this.streams.delete(stream));
    // a window that comes back has missed something: it asks for everything anew at `ready`
    stream.write('retry: 1000\nevent: ready\ndata: {}\n\n');
    return true;
  }

  send(event: 'change' | 'job', data: object): void {
    this.write(`event: ${event}\ndata: ${JSON.stringify(data)}\n\n`);
  }

  close(): void {
    clearInterval(this.timer);
    for (const stream of this.streams) stream.end();
  }

  private write(text: string): void {
    for (const stream of this.streams) stream.write(text);
  }
}
