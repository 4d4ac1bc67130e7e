// Majorant for Visual Studio Code: starts `majorant serve` and connects it to the editor.
'use strict';

const vscode = require('vscode');
const { LanguageClient, TransportKind } = require('vscode-languageclient/node');

const languages = ['markdown', 'quarto', 'rmd', 'latex', 'tex'];

let client;

async function start() {
  const command = vscode.workspace.getConfiguration('majorant').get('command');
  const server = { command, args: ['serve'], transport: TransportKind.stdio };
  const documents = languages.flatMap((language) => [
    { scheme: 'file', language },
    { scheme: 'untitled', language },
  ]);
  client = new LanguageClient('majorant', 'Majorant', server, { documentSelector: documents });
  try {
    await client.start();
  } catch (error) {
    const settings = 'Open Settings';
    const answer = await vscode.window.showErrorMessage(
      `Majorant: the program "${command}" could not be started (${error.message}). ` +
        'Install it, or set majorant.command to its full path.',
      settings,
    );
    if (answer === settings) {
      await vscode.commands.executeCommand('workbench.action.openSettings', 'majorant.command');
    }
  }
}

async function stop() {
  const running = client;
  client = undefined;
  // A client whose server never started has nothing to stop.
  await running?.stop().catch(() => undefined);
}

async function restart() {
  await stop();
  await start();
}

exports.activate = async (context) => {
  context.subscriptions.push(
    vscode.commands.registerCommand('majorant.restart', restart),
    vscode.workspace.onDidChangeConfiguration(async (event) => {
      if (event.affectsConfiguration('majorant.command')) {
        await restart();
      }
    }),
  );
  await start();
};

exports.deactivate = stop;
