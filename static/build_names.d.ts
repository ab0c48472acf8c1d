/** Names that the build puts in; they exist in the built files only, never in a test. */

/** Addresses of what the page and the worker fetch. */
declare const __BUILD__: {
  readonly coreUrl: string;
  readonly coreSha256: string;
  readonly workerUrl: string;
  readonly wasmUrl: string;
  readonly readerUrl: string;
  /** Part of the app -> address of its style. */
  readonly partStyles: Readonly<Record<string, string>>;
};

/** What the service worker keeps on the phone. */
declare const __PRECACHE__: {
  readonly version: string;
  readonly entries: readonly KeptFile[];
  /** What only some phones keep, by part of the app. */
  readonly parts: Readonly<Record<string, readonly KeptFile[]>>;
};

interface KeptFile {
  readonly url: string;
  readonly sha256: string;
  readonly bytes: number;
}
