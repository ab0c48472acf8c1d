/** What this project uses of MicroPython's own module, which comes without types. */
declare module "@micropython/micropython-webassembly-pyscript/micropython.mjs" {
  /** Start one interpreter; `url` is the address of its WebAssembly file. */
  export function loadMicroPython(options: {
    url: string;
    heapsize?: number;
    linebuffer?: boolean;
    stdout?: (text: string) => void;
    stderr?: (text: string) => void;
  }): Promise<MicroPython>;

  /** One interpreter with its own files. */
  export interface MicroPython {
    FS: {
      mkdirTree(path: string): void;
      writeFile(path: string, text: string): void;
    };
    globals: { get(name: string): unknown; set(name: string, value: unknown): void };
    runPython(source: string): unknown;
    pyimport(name: string): unknown;
  }
}
