/** A fault that the user can mend: the message is one sentence that says what to do. */
export class CliError extends Error {
  override readonly name: string = 'CliError';
  /** What the process ends with: 1 for what was given, 2 for how the command was written, 130 for a cancel. */
  readonly exitCode: 1 | 2 | 130 = 1;
}

/** A command line that can't be understood. */
export class UsageError extends CliError {
  override readonly name = 'UsageError';
  override readonly exitCode = 2;
}
